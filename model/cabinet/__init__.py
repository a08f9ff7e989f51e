"""What cabinets are made of: carcass and joinery, frames, fronts, drawers, doors, shelves, trays."""
