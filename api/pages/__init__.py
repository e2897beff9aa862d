"""
The pages: routes, what each template is given, and rendering.

Programs are served by :mod:`api.json`.
"""
