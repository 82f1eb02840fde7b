"""Layer 3: volts, amps and states in every condition."""
