"""A result as one page that can be sent: a single HTML file, without network, that opens from disk."""
