"""What holds parts together: which screw, nail or bolt, how many, where, and the bores they take."""
