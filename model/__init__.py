"""The plan of a fitted wall: configs in, placed parts out. Knows nothing of the files it will become."""
