"""What an archive keeps of a lay: numbers first, views of them, and a folder that explains itself."""
