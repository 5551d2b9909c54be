"""What ends when, what hangs on whom, and the plan against it."""
