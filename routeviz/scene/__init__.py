"""What the file says: the scene as a person wrote it."""
