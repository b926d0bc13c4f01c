"""What templates show, built from what the use cases hand out."""
