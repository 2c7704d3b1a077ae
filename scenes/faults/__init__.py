"""What roofers get wrong: small changes to a scene's measures, its order or its parts."""
