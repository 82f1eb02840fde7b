"""Layer 4: the rule language, its vocabulary, and how rules are judged."""
