"""One mistake, one file. Each has its page under docs/checks/."""
