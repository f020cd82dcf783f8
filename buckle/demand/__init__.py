"""The pressure that a filled container sees: what its contents make at a temperature and an altitude."""
