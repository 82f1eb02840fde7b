"""Layer 2: what the statements mean. Kinds applied, names resolved, typicals placed, connections drawn."""
