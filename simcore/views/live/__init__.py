"""The live page: what a browser is sent while a scenario is turned, and what it sends."""
