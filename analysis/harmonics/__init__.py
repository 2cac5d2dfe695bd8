"""Orders and asynchronous lines fitted to readings at their own angles; knows no part, limit or check."""
