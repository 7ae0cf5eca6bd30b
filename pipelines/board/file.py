"""How a published board is opened to read, by the dashboard and by the flow alike.

A process may hold a database file open in one way only: were these two different, whoever came second would be refused.
"""

READ_ONLY: dict[str, str | bool | int | float | list[str]] = {
    "enable_external_access": "false",
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "memory_limit": "1GB",
    "threads": "2",
    "lock_configuration": "true",
}
