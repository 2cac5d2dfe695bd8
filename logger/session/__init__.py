"""Bytes and events in, a capture out; no port, thread, clock or screen."""
