"""``knockon page``: the answers as a page in the browser, on this machine alone unless told otherwise"""

from __future__ import annotations

import click

from knockon.queries.ui.asking import GOOD, CouldNotRun, Settings, answering
from knockon.queries.ui.sentences import page as says
from knockon.queries.ui.sentences.help import page as say
from knockon.queries.ui.terminal.plain import say_beside

PORT = 8642


@click.command("page", help=say.PAGE)
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, metavar="N", help=say.PORT)
@click.option("--network", is_flag=True, help=say.NETWORK)
@click.option("--write", is_flag=True, help=say.WRITE)
@answering
def page(settings: Settings, port: int, network: bool, write: bool) -> int:
    """Serve the page until it is ended."""
    from knockon.queries.ui.page.network import NoNetwork, own_address
    from knockon.queries.ui.page.serving import PortTaken, serve

    if write and not network:
        raise click.UsageError(say.WRITE_NEEDS_NETWORK)

    if settings.server or settings.without:
        raise CouldNotRun(says.FOLDER_ALONE)
    try:
        serve(settings.records, settings.named, port, say_beside, own_address() if network else "", write)
    except NoNetwork as error:
        raise CouldNotRun(says.NO_NETWORK) from error
    except PortTaken as error:
        raise CouldNotRun(says.PORT_TAKEN.format(port=port)) from error
    return GOOD
