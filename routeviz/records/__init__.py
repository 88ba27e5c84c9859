"""What is written down for the bench: tables, charts and lists, as values before they are pages."""
