"""What all commands share: options, the screen, output files, and a scenario made ready."""
