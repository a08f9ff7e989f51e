"""How parts are cut from what is bought: sheets at a saw or a router, and everything that is sold by length."""
