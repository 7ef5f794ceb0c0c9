//! Readings, units and uncertainty. Knows nothing of bicycles.
