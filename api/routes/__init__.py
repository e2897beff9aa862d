"""Addresses of the service: pages beside the JSON interface, over the same desk."""
