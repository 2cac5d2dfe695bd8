from .saved_setups import check_setup as check_setup
from .settings import (
    ENVIRONMENT as ENVIRONMENT,
    FILE_NAME as FILE_NAME,
    Laboratory as Laboratory,
    Settings as Settings,
    SettingSource as SettingSource,
    laboratory_settings as laboratory_settings,
    load_settings as load_settings,
)
