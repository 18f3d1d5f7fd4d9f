"""At which value of a reading the plan becomes another one."""
