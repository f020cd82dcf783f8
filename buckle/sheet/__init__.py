"""Sheets and figures: the only place that draws."""
