"""Each module here turns a built plan into files: `write(build, out)` returns what it wrote below `out`."""
