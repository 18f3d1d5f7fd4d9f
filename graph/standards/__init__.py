"""Published standards as tables: limits and fits, screw threads, bearings, bolt grades, flares."""
