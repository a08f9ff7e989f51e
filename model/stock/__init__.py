"""What can be bought: one stock file, its tables and the items in them."""
