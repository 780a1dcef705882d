"""How a store came to its tables: one step a file, left as it is once released."""
