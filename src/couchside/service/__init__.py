"""The use cases, one function each: it owns the transaction and the audit entry."""
