"""A change tried on rock: planned so that chance, hope and habit cannot pass for it, judged by that plan."""
