"""What is known: sourced values as TOML beside typed loaders."""
