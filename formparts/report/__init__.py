"""What a person looks at."""
