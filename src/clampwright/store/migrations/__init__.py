"""How a store came to have the tables it has: one step a version, never changed afterwards."""
