from .folder import Folder as Folder, prepared as prepared
from .story import TITLE as TITLE, StepTold as StepTold, Tour as Tour
