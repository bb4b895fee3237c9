"""Rules about jobs of several parts: which stretch of wall is whose, and that each is planned as it was asked for."""
