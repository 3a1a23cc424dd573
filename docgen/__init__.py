"""docgen: fall-protection plan, contractor notice and rescue procedure from one site profile."""

__all__ = ["__version__"]

__version__ = "0.1.0"
