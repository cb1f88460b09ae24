"""The unit border and the shop tables: drills, balls, materials, friction, each row with its source."""
