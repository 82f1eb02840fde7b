"""Claims held against brute force, a solver of logic, a circuit simulator and the answers of textbooks."""
