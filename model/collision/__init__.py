"""Where placed parts meet, at rest and in motion: boxes first, then exact meshes; nothing here knows a check."""
