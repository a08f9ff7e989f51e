"""Where people sit, stand and reach."""
