"""The edge of the model: YAML in, typed and checked values out, every error with its place in a file."""
