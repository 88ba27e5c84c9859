"""The commands, and how they say what they say; nothing else prints."""
