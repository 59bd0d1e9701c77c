"""platewright's front ends and its command line. Each front end turns its platform into Inquiries and Cards back."""
