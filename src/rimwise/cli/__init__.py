"""The command line: a thin face over the use cases.

Linear algebra here is of matrices of a few hundred rows: a second thread for it mostly waits, and
on a busy machine makes learning three times as slow. NumPy reads the limit when it is first
imported, which is after this.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
