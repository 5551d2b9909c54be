"""The register of people."""
