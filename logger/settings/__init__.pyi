from .saved_setups import check_setup as check_setup
from .settings import (
    ENVIRONMENT as ENVIRONMENT,
    FILE_NAME as FILE_NAME,
    Settings as Settings,
    SettingSource as SettingSource,
    load_settings as load_settings,
)
