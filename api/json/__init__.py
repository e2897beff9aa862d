"""
The JSON interface: resources and the shapes of their bodies.

People are served by :mod:`api.pages`.
"""
