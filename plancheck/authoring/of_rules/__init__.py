"""What whoever writes a file of rules may ask of it as it stands."""
