"""Where things stand: widths along walls, corners, tops and uppers in their places."""
