"""The room: what its file may say, its ceiling, what is on its walls and what that does to units."""
