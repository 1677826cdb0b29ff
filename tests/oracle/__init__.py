"""A slow, plain second opinion: the same judgements in loops and fractions, written without looking at the engine."""
