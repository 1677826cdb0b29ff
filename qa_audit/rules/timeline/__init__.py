"""What several facts make together: episodes, therapies, exempt windows, counted readings, equipment lists."""
