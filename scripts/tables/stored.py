"""Write the measured parts of pages, and their figures, anew from the tables that studies have left in docs/."""

from scripts.study.capacity import figure as capacity_figure
from scripts.study.capacity import table as capacity
from scripts.study.crosscheck import figure as crosscheck_figure
from scripts.study.crosscheck import table as crosscheck
from scripts.study.crush import table as crush
from scripts.study.crush.bodies import WHAT
from scripts.study.errors import table as errors
from scripts.study.rolling import figure as rolling_figure
from scripts.study.rolling import table as rolling
from scripts.study.sector import table as sector
from scripts.tables.measured import write_measured


def main() -> None:
    swept = {name: capacity.read_table(name) for name in ("sweeps", "levels")}
    write_measured(capacity.PAGE, "capacity", capacity.measured(swept))
    capacity_figure.draw(swept["sweeps"])
    compared = [crosscheck.read_rows(path) for path in (crosscheck.BODIES, crosscheck.THIN)]
    write_measured(crosscheck.PAGE, "crosscheck", crosscheck.measured(*compared))
    crosscheck_figure.draw()
    write_measured(errors.PAGE, "errors", errors.measured(errors.read_table()))
    write_measured(
        rolling.PAGE, "rolling", rolling.measured({what: rolling.read_table(what) for what in ("bases", "ends")})
    )
    rolling_figure.draw()
    write_measured(crush.PAGE, "crush", crush.measured({what: crush.read_table(what) for what in WHAT}))
    write_measured(sector.PAGE, "sector", sector.measured(sector.read_rows()))
    print(*(module.PAGE for module in (capacity, crosscheck, errors, rolling, crush, sector)), sep="\n")


if __name__ == "__main__":
    main()
