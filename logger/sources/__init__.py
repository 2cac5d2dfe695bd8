"""Where items come from: a port, or a recording read again. Each is one shape, ``logger.stream.Source``."""
