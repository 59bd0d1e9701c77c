"""Cases: one person's failing print in one channel, from the first reading to what was true."""
