"""Two revisions of a plan, compared by what they are and not by how they are written."""
