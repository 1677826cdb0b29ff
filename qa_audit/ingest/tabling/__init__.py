"""From cells to tables: everything that was picked up is understood here, in polars expressions, a task at a time."""
