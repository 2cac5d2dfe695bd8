"""The only thread: reads, records, feeds, and keeps turns in the store."""
