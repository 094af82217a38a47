"""A checked file becomes bodies and filled parameter records."""
