"""What-if growth: sites stage by stage, the plans that serve them all, how far a kit reaches, what each device more costs."""
