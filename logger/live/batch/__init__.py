"""A batch at a live session: which part is named, begun and told, each with a recording of its own."""
