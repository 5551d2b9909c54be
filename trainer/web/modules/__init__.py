"""The procedures in force, each as a sheet to read and print."""
