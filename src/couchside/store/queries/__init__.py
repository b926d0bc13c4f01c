"""All questions that are put to the database, one module an idea."""
