"""Proofs: promises over every state that a panel can reach."""
