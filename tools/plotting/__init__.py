"""Pictures of a cabinfield results file, drawn from the file alone (its layout: engine/output/FORMAT.md)."""
