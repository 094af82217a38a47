"""How an answer explains and audits itself."""
