"""A heart as a moving dipole: loops, rhythm, and the person they belong to."""
