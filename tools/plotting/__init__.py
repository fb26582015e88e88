"""Pictures of a cabinfield results file, drawn from the file alone (layout: engine/output/FORMAT.md)."""
