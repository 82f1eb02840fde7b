"""The suite. What it expects comes from outside: standards, handbooks, general-purpose programs."""
