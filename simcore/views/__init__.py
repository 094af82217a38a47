"""What a person sees of a result: pictures, terminal, pages."""
