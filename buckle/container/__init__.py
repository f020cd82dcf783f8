"""The container as one: its parts cut where they end, their metal and what it costs, what they hold, how they stack."""
