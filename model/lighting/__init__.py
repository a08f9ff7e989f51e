"""Task lights under shelves."""
