from .boot_samples import BootSamples as BootSamples, Mark as Mark, times_s as times_s
from .frame_link import FrameLink as FrameLink
from .line_link import LineLink as LineLink
from .link_events import (
    BoardMessage as BoardMessage,
    LinkOutput as LinkOutput,
    PressRefused as PressRefused,
)
from .rig import Rig as Rig, read_rig as read_rig, rig_of_setup as rig_of_setup
from .rig_fields import RIG_FIELDS as RIG_FIELDS, RIG_KEYS as RIG_KEYS
from .standing import counts_moved as counts_moved, stands as stands
