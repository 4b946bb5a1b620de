"""Panelwright: relay control circuits, written down once and worked out from there."""
