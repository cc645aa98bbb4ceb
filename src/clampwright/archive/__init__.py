"""Archives of many workshops: their logs and traces in Parquet, analysed with one process or many.

==================  ================================================================================
`layout`            where things lie in an archive's folder, and how a file is put in its place
`tables`            the columns of its files; reading and writing them
`sources`           what can be put in: a workshop's folder, an export, a record, a file of traces
`taking`            putting it in, once
`traced`            recorded pulls with what was known of them
`reading`           a workshop's entries again, and what the archive holds
`units`             the pieces an analysis is done in, each known by its content
`running`           doing the pieces: in this process, or spread by Dask (`cluster`); what was done
                    before is not done again
`analyses`          the analyses by their names
`telling`           their results as tables of words, for command line and page
`pointed`           the archive a workshop points at
`paper_plan`        storage, hours and core-hours for a fleet, from the costs of this one
==================  ================================================================================

Dask is needed by `cluster` alone.
"""
