"""What did a run compute, and where is it kept?

A :class:`~solidsim.results.run.Run` in memory or in one HDF5 file that explains itself, is safe
against being killed while it is written, and can be taken into a spreadsheet or a viewer.

Public names: ``run.Run`` and its members, ``writing.start_run``, ``writing.write_run``,
``opening.open_run``, ``export.export_cells``, ``export.export_probes``, ``export.export_vtkhdf``.
"""
