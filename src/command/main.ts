// placeholder until the command is written
