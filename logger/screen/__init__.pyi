from .app import Window as Window
