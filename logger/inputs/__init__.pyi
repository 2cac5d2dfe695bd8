from .csv_file import typed_capture as typed_capture
from .csv_writing import write_csv as write_csv
from .indexed_sweep import (
    AnalysedSweep as AnalysedSweep,
    analysed as analysed,
    analysed_sweep as analysed_sweep,
    analysed_sweeps as analysed_sweeps,
    clock_apart_deg as clock_apart_deg,
    index_of as index_of,
    one_part as one_part,
    one_surface as one_surface,
)
from .json_file import beside_csv as beside_csv
from .loading import (
    LoadedSweep as LoadedSweep,
    from_recording as from_recording,
    load_opposed as load_opposed,
    load_recorded as load_recorded,
    load_sweep as load_sweep,
    read_recording as read_recording,
)
from .notebook_file import write_notebook as write_notebook
from .origin import SweepOrigin as SweepOrigin
from .result_in_store import StoredResult as StoredResult, is_gone as is_gone, stored_result as stored_result
from .sample_files import (
    FORMATS as FORMATS,
    format_of as format_of,
    is_sample_file as is_sample_file,
    write_sample_file as write_sample_file,
)
from .sample_table import SampleTable as SampleTable, table_of as table_of
from .store_names import (
    file_of as file_of,
    stored_file as stored_file,
    whole_file as whole_file,
)
from .stored_files import (
    FileCheck as FileCheck,
    FoundFile as FoundFile,
    FoundFiles as FoundFiles,
    check_files as check_files,
    find_files as find_files,
)
from .sweep_excerpt import load_excerpt as load_excerpt
